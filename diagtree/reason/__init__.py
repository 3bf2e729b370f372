"""What the answers say: tables, belief, and what is left when the work is done."""
