# Temperature logs: from a file and from standard input, good and broken.
try() { echo "\$ fenmend $*"; fenmend "$@"; echo "status $?"; }
cat >cold.csv <<'END'
date,low C,high C
2026-11-20,1,6
2026-11-21,2,9
2026-11-22,3,14
END
try reckon chill log=cold.csv need=60
try reckon chill log=- from=2026-11-21 by=band <cold.csv
try reckon next-treatment pest=aphid log=cold.csv treated=2026-11-20
printf 'date,time,temp F\n2026-11-20,00:00,41\n2026-11-20,01:00,4l\n' >broken.csv
try reckon chill log=broken.csv
printf 'date,temp\n2026-11-20,4\n' | try reckon chill log=-
: >empty.csv
try reckon chill log=empty.csv
try reckon chill log=none.csv
mkdir folder
try reckon chill log=folder
try reckon chill log=cold.csv from=2027-01-01
try reckon chill log=cold.csv today=2026-12-01
try reckon chill
