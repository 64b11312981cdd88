# Any unit is taken, the chosen ones are shown.
small --units=us <<'LINES'
trap-plant
note water-reading 0.3 mS/cm
note last-move 2 weeks ago
note last-move yesterday
note last-move 2026-06-01
done
LINES
