# Slips with one answer are mended where the file was named, and nowhere else; codes have help.
cat >mine.yaml <<'PACK'
# my own
rules:
  wet-and-black:
    when: blackened is old-leaves   # one of several
    then: slight for thirsst
    why: It may have been dry before.
    source: one plant of mine
PACK
small vet mine.yaml | tail -n 1; echo "status $?"
small vet --fix mine.yaml | tail -n 1
cat mine.yaml
fenmend --only-rules vet --fix; echo "status $?"
small vet --strict mine.yaml | tail -n 1
fenmend vet --help gap caution
fenmend vet --help gaap; echo "status $?"
small vet --format sarif mine.yaml | grep -o '"version":"2.1.0"\|"ruleId":"[a-z-]*"' | sort | uniq -c | sed 's/^ *//'
