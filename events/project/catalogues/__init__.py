"""The catalogues of translations: gathered from code and templates, checked, and compiled."""
