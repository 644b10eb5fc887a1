/* How characters pass: the simulator listens at one address; at the end of the input it is told to stop. */
#include "target.h"

volatile __xdata __at(0xffff) byte port;

byte get_char(void)
{
    port = 'f';
    if (port == 0)
        port = 's';
    port = 'r';
    return port;
}

void put_char(byte sign)
{
    port = 'w';
    port = sign;
}
