"""What was found and done, told: sentences, plain tables, figures, and a page to hand on."""
