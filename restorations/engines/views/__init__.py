"""Pages of engines, each only deciding who may see it and how to answer."""
