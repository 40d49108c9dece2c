/* The program: makes the standard streams safe, then lets the command line or the explorer run. */
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

#include "command/command.h"
#include "explorer/explore.h"

/* A program started with a standard stream closed would write its results into the first file that
 * it opens. What is closed is opened the wrong way round instead, so that using it fails. */
static void fill_standard_streams(void)
{
    for (int stream = STDIN_FILENO; stream <= STDERR_FILENO; stream++) {
        if (fcntl(stream, F_GETFD) == -1 &&
            open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY) != stream) {
            _exit(EXIT_FAILED);
        }
    }
}

/* Chooses a front end: a command without a run of its own is the explorer's. */
int main(int argc, char **argv)
{
    fill_standard_streams();
    struct invocation invocation;
    enum exit_status status = command_line_open(argc, argv, stdout, stderr, &invocation);
    if (status == EXIT_DONE && invocation.command && !invocation.command->run) {
        status = explorer_main(&invocation);
    } else if (status == EXIT_DONE) {
        status = invocation_run(&invocation);
    }
    invocation_close(&invocation);
    return status;
}
