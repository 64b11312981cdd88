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
    X(CAUTION, "caution", "A step that can hurt a person lacks its caution.")

#endif
