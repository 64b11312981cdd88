# Cases of JSON: an array of any layout is cut into its items; what is broken costs itself alone.
printf '[\n  {\n    "case": "one",\n    "kind": "trap-plant"\n  },\n  {\n    "case": "two",\n    "kind": "trap-plant",\n    "findings": {"heart": "soft"}\n  }\n]\n' >pretty.json
printf '[{"case":"three","kind":"trap-plant"},{"case":"four]","kind":"trap-plant"}]' >dense.json
small check pretty.json dense.json; echo "status $?"
printf '[\n{"case":"a","kind":"trap-plant"},\n{"case":"b","kind":"trap-plant","findings":{"heart":"firm"},\n{"case":"c","kind":"trap-plant"}\n' >broken.json
echo "--- broken" >&2
small check broken.json; echo "status $?"
printf '{"case":"d","kind":"trap-plant"\n{"case":"e","kind":"trap-plant"}\n' >first.jsonl
printf '"trap-plant"}\n{"case":"f","kind":"trap-plant"}\n' >middle.jsonl
echo "--- the first line" >&2
small check first.jsonl middle.jsonl; echo "status $?"
(printf '{"case":"g","kind":'; head -c 17000000 /dev/zero | tr '\0' ' '; printf '}\n{"case":"h","kind":"trap-plant"}\n') >long.jsonl
(printf '[\n'; head -c 17000000 /dev/zero | tr '\0' ' '; printf '{case: i}]\n') >long.yaml
echo "--- too long" >&2
small check long.jsonl long.yaml 2>err; echo "status $?"; cut -c1-160 err >&2
