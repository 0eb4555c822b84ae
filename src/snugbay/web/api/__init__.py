"""The API under the page: the same desk, typed, described by OpenAPI."""
