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
printf 'trap-plant\nkeep a.yaml\n' | small >&-; echo "kept: $?"
ls
