# Results that do not arrive are a fault of the machine; a reader that has gone is not.
fenmend --help >/dev/full; echo "full: $?"
small </dev/null >/dev/full; echo "talk to full: $?"
small vet >/dev/full; echo "vet to full: $?"
fenmend --help >&-; echo "closed: $?"
small >&- </dev/null; echo "talk to closed: $?"
small <&-; echo "no input: $?"
small <.; echo "a folder for input: $?"
trap '' PIPE
(sleep 0.2; fenmend --help; echo "reader gone: $?" >&2) | true
# With standard output closed, the case file must not take its place.
printf 'trap-plant\nkeep a.yaml\n' >said # a file: who writes into a pipe may find the reader gone
small <said >&-; echo "kept: $?"
rm said
ls
# Every command in every format says the same of a full disk.
printf 'case: one\nkind: trap-plant\ndate: 2026-07-01\nfindings: {heart: soft}\nsettled: [heart-rot]\n' >one.yaml
lost() {
    "$@" >/dev/full 2>full.err
    echo "$? $(tail -n 1 full.err)"
}
i=0
while [ $i -lt 30 ]; do
    sed "s/^case: one/case: plant-$i\nwhere: {bench: $((i % 2))}/; s/^settled: .*/settled: [$([ $((i % 2)) = 0 ] && echo heart-rot || echo thirst)]/" one.yaml
    [ $i = 29 ] || echo ---
    i=$((i + 1))
done >many.yaml
for format in table json csv; do
    for file in one.yaml many.yaml; do
        lost small check -f $format $file
        lost small check -f $format --sort=urgency --score $file
    done
    lost small shared -a -f $format many.yaml
    [ $format = csv ] || lost small impact -a -f $format one.yaml --with=small.yaml
done
for format in text json html ics; do
    lost small plan -f $format one.yaml
done
for format in text json dot; do
    lost small explain -f $format one.yaml
done
for format in text json ics; do
    lost small due -f $format one.yaml
done
for format in text json; do
    lost small reckon -f $format flush runoff=300ppm target=50ppm water=5ppm pot=1l
done
lost small tune many.yaml
lost small vet -f sarif
lost small lesson --into=mine.yaml one.yaml
