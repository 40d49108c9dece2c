#include <stdio.h>

#include "command/command.h"
#include "explorer/explorer.h"

/* Chooses a front end: a command without a run of its own is the explorer's. */
int main(int argc, char **argv)
{
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
