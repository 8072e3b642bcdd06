#include <stdio.h>

int main(void)
{
    puts("wetrun " WR_VERSION);
    return 0;
}
