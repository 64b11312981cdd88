# Each refused line says why, by number, and the talk goes on; the exit status tells a script.
small <<'LINES'
venus
trap-plant
sfot
3
note hart soft
note water-reading 10 C
note water-reading -5 ppm
note water-reading 1e9 ppm
note last-move tomorrow
note last-move 2026-07-13
note unrest none
because nobody
contrast heart-rot
standng
keep
keep /no/such/folder/x.yaml
tray standing
/nowhere
soft
done
LINES
