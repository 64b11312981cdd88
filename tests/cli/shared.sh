# What sick plants have in common: nine of the eleven on bench b4, three of forty elsewhere.
{
    echo 'case,kind,where.bench,where.shelf,tray,settled'
    i=0
    while [ $i -lt 51 ]; do
        bench=b4
        [ $i -ge 11 ] && bench=b$((1 + i % 2))
        cause=finished-trap
        [ $i -lt 9 ] && cause=heart-rot
        [ $i -ge 11 ] && [ $i -lt 14 ] && cause=heart-rot
        echo "p$i,trap-plant,$bench,s$((i % 4)),$([ $i -lt 20 ] && echo standing || echo dry-often),$cause"
        i=$((i + 1))
    done
} >plants.csv
small shared plants.csv; echo "status $?"
echo "--- by one key and one finding, narrow"
COLUMNS=60 small shared --by=shelf --by=tray plants.csv
COLUMNS=40 small shared --by=shelf --by=tray plants.csv
COLUMNS=32 small shared --by=bench plants.csv
echo "--- all, as data"
small shared --by=shelf --all -f csv plants.csv | tr '\r' '|'
small shared --by=bench -f json plants.csv
echo "--- nothing"
small shared --by=shelf plants.csv
echo "--- a leading cause likelier than not counts, though another accounts for the signs"
{
    echo 'case,kind,where.bench,heart,blackened,tray,water-reading,last-move'
    for i in 1 2 3 4 5 6 7 8; do
        echo "p$i,trap-plant,b4,firm,new-leaves,dry-often,20 ppm,2026-01-01"
        echo "q$i,trap-plant,b5,firm,nothing,standing,20 ppm,2026-01-01"
    done
} >thirsty.csv
small shared thirsty.csv
echo "--- however a key is written; what is recorded and a finding of one name are two keys"
for key in where.bench BENCH finding.tray "water in the tray"; do
    small shared --by="$key" --all -f csv plants.csv | sed -n 2p | cut -d, -f1-4
done
sed 1s/bench/Bench/ plants.csv | head -n 31 >first.csv
sed 2,31d plants.csv >last.csv
small shared --by=bench first.csv last.csv | sed -n 2p
small shared --all first.csv last.csv | grep -ic bench
sed 1s/shelf/tray/ plants.csv >two-trays.csv
small shared --by=tray --all -f csv two-trays.csv | cut -d, -f1,2 | sort -u | tr '\r\n' '  '; echo
small shared --by=where.tray --all -f csv two-trays.csv | cut -d, -f1,2 | sort -u | tr '\r\n' '  '; echo
echo "--- a key that is different for each plant is left out"
awk 'BEGIN {
    print "case,kind,where.id,where.bench,settled"
    for (i = 0; i < 65600; i++)
        printf "p%d,trap-plant,%d,%d,%s\n", i, i, i < 9 ? 4 : i % 4, i < 9 ? "thirst" : "old-age"
}' >unique.csv
echo "--- a key that is different for each plant" >&2
small shared unique.csv; echo "status $?"
small shared --by=id unique.csv; echo "status $?"
echo "--- beyond luck by more than numbers can say: the more so first, and never 0"
{
    echo 'case,kind,where.aisle,where.bench,settled'
    seq 1300 | sed 's/.*[02468]$/p&,trap-plant,a1,b1,thirst/; s/.*[13579]$/p&,trap-plant,a2,b2,old-age/; 1s/a2/a1/'
} >many.csv
small shared many.csv
small shared -f json many.csv
small shared -f csv many.csv | tr '\r' '|'
echo "--- refusals" >&2
small shared --by=water-reading plants.csv; echo "status $?"
for key in nonsuch bnch trya where.tray finding.bench unrest "" where.; do
    small shared --by="$key" plants.csv; echo "status $?"
done
small shared --by=nonsuch --by=bench plants.csv; echo "status $?"
: >empty.csv
small shared --by=nonsuch empty.csv; echo "status $?"
