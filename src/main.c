#include <stdio.h>

#include "command/command.h"
#include "command/help.h"

/* Chooses a front end. Until the explorer is there, asking for it shows the help. */
int main(int argc, char **argv)
{
    struct invocation invocation;
    enum exit_status status = command_line_open(argc, argv, stdout, stderr, &invocation);
    if (status == EXIT_DONE && invocation.command && !invocation.command->run) {
        struct text help = {0};
        help_write(NULL, &help);
        status = invocation_write(&invocation, &help);
        text_free(&help);
    } else if (status == EXIT_DONE) {
        status = invocation_run(&invocation);
    }
    invocation_close(&invocation);
    return status;
}
