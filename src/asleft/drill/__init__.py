"""Rigs that answer in place of a person's hands and eyes, and the virtual unit that is one of them."""
