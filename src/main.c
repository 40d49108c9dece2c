#include <stdio.h>

int main(void)
{
    puts("guardspan " GUARDSPAN_VERSION);
    return 0;
}
