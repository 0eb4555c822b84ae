"""Room cautions."""
