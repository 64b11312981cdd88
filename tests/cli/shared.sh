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
echo "--- refusals" >&2
small shared --by=water-reading plants.csv; echo "status $?"
