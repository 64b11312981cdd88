# The calculators at the command line: what there is, what one takes, results, refusals.
try() { echo "\$ fenmend $*"; fenmend "$@" </dev/null; echo "status $?"; }
try reckon
try reckon prey
try reckon flush runoff=600uS/cm water=5ppm target=60ppm pot=1l
try reckon --units=us --show=formula vpd air=77F humidity=60%
try --today=2026-12-20 reckon dormancy latitude=51.5N started=2026-11-20
try --today=2026-12-20 reckon chill from=2026-11-20
try reckon --format=json prey trap=24mm
try reckon --format=json prey
try reckon fluch runoff=300ppm
try reckon weather
try reckon flush runof=300ppm
try reckon flush colour=red
try reckon flush 300ppm
try reckon flush =300ppm
try reckon flush runoff=300ppm runoff=200ppm
try reckon flush runoff=300
try reckon flush runoff=30C
try reckon flush runoff=300ppm water=5ppm target=60ppm
try reckon flush runoff=300ppm water=60ppm target=30ppm pot=1l
try reckon prey trap=24mm pitcher=90ml
try reckon --show=all prey
try reckon flush "runoff=$(printf '\033[31m')" 2>&1 | cat -v
