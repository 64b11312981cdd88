/* status.h -- how every call that can fail says so.
 *
 * Three ways to fail, told apart because the caller must act differently:
 * bad input is told to the user with its place and work goes on; a failing
 * machine ends the command; our own mistakes are assert()s and have no status.
 */
#ifndef FENMEND_STATUS_H
#define FENMEND_STATUS_H

#if defined(__GNUC__)
#define FEN_MUST_USE __attribute__((warn_unused_result))
#define FEN_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))
#else
#define FEN_MUST_USE
#define FEN_PRINTF(fmt, args)
#endif

typedef enum fen_status {
    FEN_OK = 0,
    FEN_EINPUT, /* the text or value given cannot be used; problems say why */
    FEN_ENOMEM, /* no memory; the object is as it was before the call */
    FEN_EIO     /* reading or writing failed; errno says how */
} fen_status;

/* A short plain word for a status, never NULL. */
const char *fen_status_text(fen_status st);

#endif
