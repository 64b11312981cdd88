/* main.c -- the door; everything else can be linked into a test. */
#include "command.h"

int main(int argc, char **argv)
{
    return fen_command_main(argc, argv);
}
