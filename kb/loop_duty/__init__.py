"""The duty of a loop: flow, heat, filling and space, each judged from one resolved loop."""
