# Names that differ only at their end: whole where nobody says how wide a line may be, else cut in the middle.
{
    echo 'case,kind,heart,blackened,tray,water-reading (ppm),last-move'
    for i in 1 2 3; do
        echo "the-long-bench-by-the-north-door-$i,trap-plant,firm,new-leaves,dry-often,20,2026-01-01"
    done
} >plants.csv
echo "--- 80 columns"
small check plants.csv | head -n 4
echo "--- 40 columns"
COLUMNS=40 small check plants.csv | head -n 4
echo "--- to a file"
unset COLUMNS
small check plants.csv >to-file
cat to-file
printf 'case,kind,heart\na plant with a name,trap-plant,this is no answer that anybody knows\n' | small check - 2>/dev/null | sed -n 2p
