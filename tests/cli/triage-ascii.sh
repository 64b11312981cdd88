# A locale without UTF-8 gets none, whatever is typed; control sequences never come out.
LC_ALL=C small <<'LINES' | LC_ALL=C grep -n '[^ -~]' && echo "not plain"
trap-plant
soft
standing
because
done
LINES
printf 'trap-plant\nnote tray \033[2J\nkeep \033]0;x\007/a\n\377\n' | small >out 2>err
echo "status $?"
cat -v err
grep -c "$(printf '\033')" out err
