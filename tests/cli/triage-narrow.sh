# Half a window.
COLUMNS=50 small <<'LINES'
help
glue-plant
?
firm
note water-reading 300 ppm
note blackened 2
standing
done
LINES
