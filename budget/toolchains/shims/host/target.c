/* The end of the input ends the program; what it has printed goes out before it waits. */
#include <stdio.h>
#include <stdlib.h>
#include "target.h"

byte get_char(void)
{
    int sign;

    fflush(stdout);
    sign = getchar();
    if (sign == EOF)
        exit(0);
    return (byte)sign;
}

void put_char(byte sign)
{
    putchar(sign);
}
