"""The pages: each handler reads a form, calls the desk, and fills a template."""
