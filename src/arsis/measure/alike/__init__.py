"""How two kinds of section treat what sounds in both of them."""
