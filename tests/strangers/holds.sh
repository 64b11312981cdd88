# Read by the scripts that judge these messages: what the last line of `check --score -f json`, in the file
# score, must hold.
number() { grep -o "\"$1\":[0-9.]*" score | head -1 | cut -d: -f2; }
holds() { awk -v at="$(number "$2")" -v bound="$4" "BEGIN { exit !(at $3 bound) }" && echo "$1: yes" || echo "$1: no, $(number "$2")"; }
