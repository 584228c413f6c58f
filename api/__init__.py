"""The faces: HTTP service and command line. Thin: no rule, formula or threshold lives here."""
