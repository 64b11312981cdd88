# The grower's own packs come after the shipped ones, those of --rules last.
causes() { fenmend "$@" vet | sed -n 's/.*, \([0-9]*\) causes.*/\1/p'; }
shipped=$(causes)
mkdir -p data/fenmend/rules
cat >data/fenmend/rules/mine.yaml <<'PACK'
causes:
  test-cause-of-my-own: {name: a test, about: Nothing., usual: 1 %, urgency: none, harmless: yes}
PACK
echo "a folder that nobody names: $(($(causes) - shipped))"
export XDG_DATA_HOME="$PWD/data"
echo "named by XDG_DATA_HOME: $(($(causes) - shipped))"
XDG_DATA_HOME=data
echo "relative, which counts as not set: $(($(causes) - shipped))"
unset XDG_DATA_HOME
mkdir -p "$HOME/.local/share/fenmend/rules"
cp data/fenmend/rules/mine.yaml "$HOME/.local/share/fenmend/rules"
echo "in the usual place: $(($(causes) - shipped))"
echo "and not with --only-rules: $(causes --only-rules --rules=small.yaml)"
rm "$HOME"/.local/share/fenmend/rules/*
echo "a folder from which the last pack was taken: $(($(causes) - shipped))"
cp data/fenmend/rules/mine.yaml "$HOME/.local/share/fenmend/rules"
fenmend --only-rules vet; echo "no rules at all: $?"
# The same name twice is refused with both places.
fenmend --rules=data/fenmend/rules vet | sed "s|$HOME|HOME|"
# A broken pack of one's own stops every command, with its place.
echo 'rules: [' >"$HOME/.local/share/fenmend/rules/mine.yaml"
fenmend triage </dev/null 2>&1 | sed "s|$HOME|HOME|"
