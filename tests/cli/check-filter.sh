# check as a filter: under xargs and split, and with a reader who leaves early.
i=0
while [ $i -lt 200 ]; do
    printf '{"case": "p%03d", "kind": "trap-plant", "findings": {"heart": "%s"}}\n' $i "$([ $((i % 3)) = 0 ] && echo soft || echo firm)"
    i=$((i + 1))
done >plants.jsonl
small check -f json plants.jsonl >whole
split -l 60 --filter='fenmend --only-rules --rules=small.yaml --today=2026-07-12 check -f json -' plants.jsonl | cmp - whole && echo "split: same"
split -l 60 plants.jsonl part-
ls part-* | xargs -n 1 fenmend --only-rules --rules=small.yaml --today=2026-07-12 check -f json | cmp - whole && echo "xargs: same"
cat plants.jsonl | small check -f json - | cmp - whole && echo "pipe: same"
{ small check -f json plants.jsonl; echo "status $?" >status; } | head -n 1 | cut -c1-40
# Results come as the cases do, with several workers too: the second case waits for the first one's result.
mkfifo in out
small check -f json -j 2 - <in >out &
exec 3>in 4<out
echo '{"case": "first"}' >&3
read -r line <&4
echo "$line" | cut -c1-16
echo '{"case": "second"}' >&3
exec 3>&-
read -r line <&4
echo "$line" | cut -c1-17
wait
echo "--- full disk" >&2
small check plants.jsonl >/dev/full; echo "status $?"
