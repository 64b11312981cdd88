# A whole talk from a pipe reads as a transcript.
small <<'LINES'
trap-plant
?
soft
standing
traps, 1
done
LINES
