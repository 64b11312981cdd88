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
echo "--- refusals" >&2
small shared --by=water-reading plants.csv; echo "status $?"
