# What is both an answer and a word of the prompt.
small <<'LINES'
trap-plant
note heart firm
note blackened none
note stalk no
note last-move unsure
note water-reading unsure
standing
back
/standing
= back
done
LINES
