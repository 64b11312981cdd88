# Colour only where it is wanted.
talk() { small "$@" <<'LINES'
trap-plant
soft
done
LINES
}
esc=$(printf '\033')
for opts in "" "--color=auto" "--color=never" "--color=always"; do
    talk $opts 2>/dev/null | grep -c "$esc" | sed "s/^/lines with colour under '$opts': /"
done
NO_COLOR=1 talk --color=always 2>/dev/null | grep -c "$esc" | sed "s/^/asked for by hand beats NO_COLOR: /"
# The words are the same without it.
talk --color=never 2>/dev/null >plain
talk --color=always 2>/dev/null | sed "s/$esc\[[0-9;]*m//g" | cmp - plain
