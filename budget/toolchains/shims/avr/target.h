/* An ATtiny85 (document 2586): characters pass through its serial port, the USI in three-wire mode; another side
   clocks it. Tables stay in the program's memory. */
#include <avr/io.h>
#include <avr/pgmspace.h>

typedef unsigned char byte;
#define FIXED const __attribute__((__progmem__))
#define FIXED_AT const byte *
#define FETCH(place) pgm_read_byte(place)

int main(void) __attribute__((OS_main));

/* Wait until eight bits have passed. */
static __attribute__((noinline)) byte pass(void)
{
    USISR = 1 << USIOIF;
    while ((USISR & 1 << USIOIF) == 0)
        ;
    return USIDR;
}

#define get_char() pass()
#define put_char(sign) (USIDR = (sign), (void)pass())
