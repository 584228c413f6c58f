"""The description of the service and its documentation.

Owns: OpenAPI document, examples, pages of documentation. Does not own: the routes.
"""
