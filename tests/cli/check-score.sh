# Settled cases are compared with the verdict, and asked once more one by one.
cat >plants.csv <<'CSV'
case,kind,heart,blackened,stalk,tray,water-reading (ppm),settled
a,trap-plant,soft,new-leaves,no,standing,20,heart-rot
b,trap-plant,soft,new-leaves; traps,no,standing,30,heart-rot
c,trap-plant,firm,old-leaves,no,back-and-forth,10,old-age
d,trap-plant,firm,traps,no,back-and-forth,10,finished-trap
e,trap-plant,firm,old-leaves,no,back-and-forth,400,mineral-burn
f,trap-plant,firm,old-leaves,no,dry-often,10,thirst; old-age
g,trap-plant,firm,old-leaves,no,back-and-forth,10,heart-rot
h,trap-plant,firm,,no,back-and-forth,10,
CSV
small check --score plants.csv
echo "--- narrow"
COLUMNS=40 small check --score plants.csv | sed -n '/^settled/,$p'
COLUMNS=32 small check --score plants.csv | sed -n '/^settled/,$p' | awk 'length > 32'
echo "--- json"
small check --score -f json plants.csv | tail -n 1
echo "--- csv: the score goes where messages go" >&2
small check --score -f csv plants.csv | tail -n 1 | tr '\r' '|'
echo "--- none is settled"
printf 'case,heart\nx,firm\n' | small check --score -
printf 'case,heart\nx,firm\n' | small check --score -f json - | tail -n 1
echo "--- one is, and none as urgent"
printf 'case,kind,heart,settled\nx,trap-plant,firm,old-age\n' | small check --score - | sed -n '/^settled/,$p'
printf 'case,kind,heart,settled\nx,trap-plant,firm,old-age\n' | small check --score -f json - | tail -n 1
echo "--- of several causes any may be the urgent one, and their order does not matter"
for both in 'old-age; heart-rot' 'heart-rot; old-age' 'thirst; heart-rot' 'heart-rot; thirst'; do
    printf 'case,kind,heart,blackened,settled\na,trap-plant,firm,old-leaves,%s\n' "$both" | small check --score - | sed -n '/^danger/p; /it was/,$p'
done
