# After the verdict an empty line asks on, as long as something is open.
small <<'LINES'
trap-plant
soft
new-leaves

10 ppm

no





done
LINES
