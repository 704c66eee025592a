"""Photos and clips of engines: taken in, made safe, marked, paired, kept in the order of stripping.

What is attached to an entry, a step or a part points here from there (many-to-many to Photo), never back.
"""
