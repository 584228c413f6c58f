"""Does it do the work: flow, air, heat, fill and space as pure functions, one subject a file."""
