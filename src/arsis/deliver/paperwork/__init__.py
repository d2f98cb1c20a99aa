"""The sheets that go with a delivery: made from its manifest and its frozen plans, and from nothing else."""
