#include "fenmend/status.h"

const char *fen_status_text(fen_status st)
{
    switch (st) {
    case FEN_OK:
        return "done";
    case FEN_EINPUT:
        return "unusable input";
    case FEN_ENOMEM:
        return "no memory";
    case FEN_EIO:
        return "reading or writing failed";
    }
    return "unknown status";
}
