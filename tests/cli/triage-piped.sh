# A whole talk from a pipe reads as it was held.
small <<'LINES'
trap-plant
?
soft
standing
traps, 1
done
LINES
