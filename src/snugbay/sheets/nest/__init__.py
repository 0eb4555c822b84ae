"""Laying straight-edged pieces on as few equal sheets as possible: geometry, search and the two file formats."""
