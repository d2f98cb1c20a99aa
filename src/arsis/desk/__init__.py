"""The desk: a local page for seeing, deciding and hearing."""
