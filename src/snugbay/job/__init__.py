"""Room job."""
