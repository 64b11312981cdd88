# The session shown in README.md is what the program says: the answers are read out of it,
# and what it shows must come line by line; '...' leaves lines out.
readme="$here/../../README.md"
awk '/^```text$/ { on = 1; next } /^```$/ { if (on) exit } on' "$readme" >shown
sed -n 's/^[a-z-]*> //p' shown >answers
fenmend --today=2026-07-10 <answers >said 2>/dev/null
awk '
    NR == FNR { said[++n] = $0; next }
    /^[a-z-]+> / { next } # what is typed
    /^ *\.\.\.$/ { gap = 1; next }
    {
        for (i = at + 1; i <= n && said[i] != $0 && (gap || !at); i++)
            ;
        if (i > n || said[i] != $0) {
            print "README.md shows:\n" $0 "\nwhere is said:\n" said[at + 1]
            exit
        }
        at = i
        gap = 0
        lines++
    }
    END { print (lines > 60 ? "more than 60" : lines) " lines follow" }
' said shown
