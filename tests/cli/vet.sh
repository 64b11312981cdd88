# The rules alone, with a pack more, with a broken one, with one that is not there.
small vet | tail -n 4
cat >mine.yaml <<'PACK'
rules:
  wet-and-black:
    when: blackened includes old-leaves
    then: slight for thirst
    why: It may have been dry before.
PACK
small vet mine.yaml | tail -n 4
cat >broken.yaml <<'PACK'
rules:
  mistaken:
    when: hart is soft
    then: strong for heart-rott
    why: Two mistakes in one rule.
PACK
small vet broken.yaml; echo "status $?"
small --rules=broken.yaml triage </dev/null; echo "status $?"
small vet nowhere.yaml; echo "status $?"
