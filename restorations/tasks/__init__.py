"""Work in the shop: what is off the engine and where, what soaks (cards, day book and boxes join here)."""
