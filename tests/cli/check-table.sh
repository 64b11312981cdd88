# What spreadsheets hand over: rows with nothing in them, headings in any case and by their names, units in either bracket.
printf 'Case,kind,Water-Reading [uS/cm],Where.Bench\na,trap-plant,200,4\n,,,\n"","",,\nb,trap-plant,200 ppm,4\n,,,\n' >sheet.csv
small check -f csv sheet.csv; echo "status $?"
small shared --all --by Bench sheet.csv >/dev/null; echo "status $?"
printf 'case,kind of plant,Dissolved solids in the water (uS/cm)\na,trap-plant,200\n' >named.csv
small check -f csv named.csv; echo "status $?"
printf 'case,kind,water-reading (furlong)\na,trap-plant,2\nb,trap-plant,3\n' >furlong.csv
printf 'case,kind,water-reading (C)\na,trap-plant,2\n' >celsius.csv
printf 'case,kind,heart (ppm)\na,trap-plant,2\n' >heart.csv
printf 'case,kind,note\na,trap-plant,"one\ntwo"x\nb,trap-plant,"three\nfour"\n' >quotes.csv
small check furlong.csv celsius.csv heart.csv quotes.csv >/dev/null; echo "status $?"
