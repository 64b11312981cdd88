demo night-frost-in-april
