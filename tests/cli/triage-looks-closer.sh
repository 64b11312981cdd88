# Every word that looks closer, before and after the verdict; none of them records anything.
small <<'LINES'
1
firm
because
because old age
contrast
contrast mineral-burn old-age
flip
suppose water-reading 900 ppm
plan
old-leaves
flip
because moving-sulk
done
LINES
