# Back, as often as one likes; the same question comes again.
small <<'LINES'
trap-plant
soft
back
firm
skip
note tray 1
back
back
back
back
back
LINES
