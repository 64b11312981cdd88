# A group of kinds is an answer that is asked further; whoever cannot tell more keeps the group.
cat >kinds.yaml <<'PACK'
pack: kinds
kinds:
  plant: {name: plant}
  flytrap: {name: flytrap, latin: Dionaea muscipula, within: plant}
  sticky: {name: sticky plant, within: plant}
  sundew: {name: sundew, latin: Drosera, within: sticky}
  bud-sundew: {name: sundew with a winter bud, latin: Drosera anglica, within: sundew}
  other-sundew: {name: other sundew, within: sundew}
  butterwort: {name: butterwort, latin: Pinguicula, within: sticky}
findings:
  dew: {name: dew, ask: Is there dew on the leaves?, effort: glance, yes-no: {usual: 50 %}, kinds: [sundew]}
causes:
  washed: {name: dew washed off, about: Rain took it., usual: 20 %, urgency: none, harmless: yes, deciding: dew, kinds: [sundew]}
  fine: {name: nothing wrong, about: All is well., usual: 20 %, urgency: none, harmless: yes}
rules:
  no-dew: {when: dew is no, then: strong for washed, why: Rain washes dew off., source: common practice}
  some-dew: {when: dew is yes, then: strong against washed, why: What is there was not washed off., source: common practice}
remedies: {}
PACK
printf '%s\n' 2 2 back unsure yes standing back back back 1 quit |
    fenmend --only-rules --rules=kinds.yaml --today=2026-07-12
