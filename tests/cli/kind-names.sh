# The kinds of a nursery's sheet, as its labels have them. What is taken by its genus alone is warned of, and judged all the same.
cat >sheet.csv <<'CSV'
case,kind
a,Drosera capensis 'Albino'
b,N. ventrata
c,Sarracenia × moorei
d,Drosera nonsuchia
e,Drosera capensi
f,N. ventricosa x hamata
g,Rosa canina
h,Sarracenia hybrid
CSV
fenmend check --today=2026-07-12 -f json sheet.csv | grep -o '"case":"."\(,"kind":"[^"]*"\)\?'
echo "--- at the prompt the rest is asked"
printf 'Drosera nonsuchia\nquit\n' | fenmend --today=2026-07-12 triage | grep -A 2 Noted
