demo autumn-die-back
