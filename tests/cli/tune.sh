# Weights from settled cases: a diff of the packs, and a pack out of nothing but cases.
{
    echo 'case,kind,heart,stalk,tray,settled'
    i=0
    while [ $i -lt 60 ]; do
        # a soft heart and standing water mean rot nine times in ten; a firm one, another cause
        case $((i % 10)) in
        0 | 1 | 2 | 3) echo "p$i,trap-plant,soft,no,standing,heart-rot" ;;
        4) echo "p$i,trap-plant,firm,no,standing,heart-rot" ;;
        5 | 6 | 7) echo "p$i,trap-plant,firm,no,dry-often,thirst" ;;
        8) echo "p$i,trap-plant,firm,yes,dry-often,thirst; old-age" ;;
        9) echo "p$i,trap-plant,,no,standing,thirst" ;;
        esac
        i=$((i + 1))
    done
} >plants.csv
cp small.yaml authored.yaml
small tune plants.csv >weights.diff; echo "status $?"
cat weights.diff
echo "--- nothing was changed; patch reads it, and what comes of it loads"
cmp small.yaml authored.yaml && patch -s small.yaml weights.diff && small check plants.csv >/dev/null; echo "status $?"
diff authored.yaml small.yaml | grep -c '^>'
echo "--- from cases alone"
fenmend tune --propose plants.csv >proposed.yaml; echo "status $?"
sed -n '1,/^findings/p' proposed.yaml
sed -n '/^rules/,$p' proposed.yaml
sed 's/^\(case\),kind/\1,#kind/' plants.csv | fenmend check --only-rules --rules=proposed.yaml --score - | grep -E 'right|first' | head -n 3
echo "--- that it could not be told counts, too"
sed 's/,,/,unsure,/' plants.csv | fenmend tune --propose --missing=used - | grep -A 5 '^  heart-unsure'
echo "--- too few"
head -n 12 plants.csv | small tune -; echo "status $?"
head -n 12 plants.csv | fenmend tune --propose -; echo "status $?"
echo "--- a case that cannot be read"
sed '3s/soft/sfot/' plants.csv | small tune - >/dev/null; echo "status $?"
