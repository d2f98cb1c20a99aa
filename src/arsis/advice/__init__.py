"""What figures give cause to say, and what they do not: judgement in words, each with its evidence."""
