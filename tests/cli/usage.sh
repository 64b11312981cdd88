# Help, version, and lines that cannot be used.
try() { echo "\$ fenmend $*"; fenmend "$@" </dev/null; echo "status $?"; }
# (the list of commands grows; that every command is in it, test_option tells)
try --help | sed '/^commands:/,/^$/d'
try explain --help
try --version
try triage --version
try frobnicate
try explian
try small.yaml
try --colour=never
try --col
try --color=blue
try --today=yesterday
try --rules
try --only-rules
try vet --only-rules
try triage a b
try -x
try -- --help
try "$(printf 'bad\033[31mname')" 2>&1 | cat -v
