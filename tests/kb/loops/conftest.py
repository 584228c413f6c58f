"""Makes what the tests of all sections share importable from their folders: `flow_asking.py` and its neighbours."""
