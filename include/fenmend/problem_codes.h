/* problem_codes.h -- the one table of problem codes: symbol, stable name, help.
 * Included by problem.h; add rows at the end of a group, never reuse a name. */
#ifndef FENMEND_PROBLEM_CODES_H
#define FENMEND_PROBLEM_CODES_H

#define FEN_PROBLEM_CODES(X)                                                                        \
    X(READ, "read", "The file could not be read.")                                                  \
    X(TOO_LARGE, "too-large", "A size, depth or count is above its limit; limits keep a hostile or broken file from using up the machine.") \
    X(ENCODING, "encoding", "The text is not valid UTF-8.")                                         \
    X(SYNTAX, "syntax", "The text is not well-formed.")                                             \
    X(DUPLICATE, "duplicate", "The same name is given twice, so one of the two would be lost.")      \
    X(UNKNOWN_KEY, "unknown-key", "This part has no such key.")                                     \
    X(MISSING, "missing", "Something required is left out.")                                        \
    X(SHAPE, "shape", "A list, a map or a text stands where another of these is needed.")           \
    X(UNKNOWN_NAME, "unknown-name", "Nothing of this name is declared in any pack.")                \
    X(BAD_NAME, "bad-name", "A name has characters that names may not have.")                       \
    X(BAD_VALUE, "bad-value", "The value is not one of those possible here.")                       \
    X(NUMBER, "number", "The number cannot be read, or is outside its limits.")                     \
    X(DIMENSION, "dimension", "Quantities of different dimensions are compared or added.")          \
    X(CONDITION, "condition", "The sentence of a condition cannot be read.")                        \
    X(EFFECT, "effect", "The sentence of a rule's effect cannot be read.")                          \
    X(CYCLE, "cycle", "Rules depend on their own absence, so no answer would be right.")            \
    X(KIND_TREE, "kind-tree", "The tree of kinds has a loop or no root.")                           \
    X(NEVER, "never", "This can never hold or never be asked.")                                     \
    X(CAUTION, "caution", "A step that can hurt a person lacks its caution.") \
    X(NEVER_TRUE, "never-true", "No set of answers makes this condition, or this part of it, true: its answers or thresholds exclude each other, so the rule can never fire. Either a threshold or an answer is mistyped, or 'all' stands where 'any' is meant.") \
    X(ALWAYS_TRUE, "always-true", "Every answer makes this condition, or this part of it, true, so it tells nothing apart. Leave it out, or name only the answers that matter.") \
    X(NOT_ASKED, "not-asked", "The rule needs the answer to a question whose 'ask when' does not hold for the other answers that the rule needs. Nobody is asked it then, so the rule waits for ever unless the grower volunteers the answer.") \
    X(COUNTED_TWICE, "counted-twice", "Two rules move the weight of one cause in the same direction on the same observation: they look at the same findings, and some answers make both true. Weights add up, so the observation counts twice. Let the narrower one go 'over' the other, with the weight that both together should have. A rule that looks at one finding more weighs what that adds, and is not meant here.") \
    X(IMPLIED, "implied", "Wherever this rule is true, another has done all that it does already. It can be taken out without any change; if it was meant to do something else, change it.") \
    X(CONTRADICTS, "contradicts", "On the very same answers one rule speaks for a cause and another against it, or one weighs a cause that another excludes. The two cancel or one is lost; one of them is mistaken.") \
    X(GAP, "gap", "Rules divide the values of a quantity between them and leave one value, or one stretch, to none: '< 50' and '> 50' both let go of 50 itself. Write '<=' or '>=' on the side where the threshold belongs.") \
    X(OVERLAP, "overlap", "Two rules meet at a threshold and both take the value that lies exactly on it: '<= 50' and '>= 50' both fire at 50. Write '<' or '>' on the side where it does not belong.") \
    X(CLASH, "clash", "Some set of answers makes two rules give a finding two different values. Both are shown to the grower and neither is believed. The message has such answers; let one rule go 'over' the other, or narrow one.") \
    X(NONE_AGAINST, "none-against", "No rule speaks against the cause, so it can only gain and is never ruled out. Say which answer speaks against it: most certainty comes from what a cause can not look like.") \
    X(NO_REMEDY, "no-remedy", "A verdict with nothing to do helps nobody. Also a harmless cause has a remedy: what is better left alone.") \
    X(NO_DECIDING, "no-deciding", "A cause needs the one finding that settles it, and a rule for or against it that looks at that finding. Questions about causes that kill fast are chosen by it.") \
    X(NO_SOURCE, "no-source", "The rule does not say where it comes from. Name a page, a paper or growers who agree, or say 'common practice, no source' or 'from memory'; a rule that nobody can check is a rule that nobody can correct.") \
    X(LONG_TEXT, "long-text", "The text does not fit where it is shown: a question has two lines of a terminal, an answer one, a name half of one.") \
    X(ODD_UNIT, "odd-unit", "The number is so large or so small in its unit that nobody would say it so, and another unit of the dimension has a plain number for the same quantity. Mistakes by a factor of ten or a thousand hide in such numbers.") \
    X(FORMAT, "format", "The case was kept by a later version of the program, in a format that this one would misunderstand. Nothing is read from it and nothing is written over it; use the later version, or name another file.") \
    X(BUSY, "busy", "Another program is writing the same file at this moment. Nothing was written; say the same again when it is done.")

#endif
