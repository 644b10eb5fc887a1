/* Runs a program on a simulated ATtiny85 (libsimavr): inputs come in on standard input, each with its length before
   it in two bytes, the low one first; what the program prints goes out on standard output. The other side of the
   serial port is here: a byte passes as soon as the part waits for it. On standard error: the cycles up to the first
   wait, and then up to each wait for more than an input had. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "simavr/sim_avr.h"
#include "simavr/sim_elf.h"
#include "simavr/sim_io.h"

#define USISR 0x2e /* as an address in data: 0x0e, and 0x20 for the registers */
#define USIDR 0x2f
#define DONE 0x40 /* USIOIF */

static unsigned left; /* bytes of this input that have not been read */
static int is_output, is_done;
static uint64_t begun;
static jmp_buf ended;

/* The program waits and has read its input: tell its cycles, and begin the next input. */
static void next_input(avr_t *avr)
{
    int low, high;

    do {
        fprintf(stderr, "%llu\n", (unsigned long long)(avr->cycle - begun));
        begun = avr->cycle;
        low = getchar();
        high = getchar();
        if (high == EOF)
            longjmp(ended, 1);
        left = (unsigned)low | (unsigned)high << 8;
    } while (left == 0);
}

static uint8_t read_status(avr_t *avr, avr_io_addr_t at, void *nothing)
{
    (void)nothing;
    if (!is_done) {
        if (!is_output) {
            if (left == 0)
                next_input(avr);
            avr->data[USIDR] = (uint8_t)getchar();
            --left;
        } else
            putchar(avr->data[USIDR]);
        is_output = 0;
        is_done = 1;
    }
    avr->data[at] = DONE;
    return avr->data[at];
}

static void write_status(avr_t *avr, avr_io_addr_t at, uint8_t value, void *nothing)
{
    (void)nothing;
    (void)at;
    (void)avr;
    if (value & DONE)
        is_done = 0;
}

static void write_data(avr_t *avr, avr_io_addr_t at, uint8_t value, void *nothing)
{
    (void)nothing;
    avr->data[at] = value;
    is_output = 1;
}

/* The simulator's own remarks would stand among what the program prints. */
static void say_nothing(avr_t *avr, const int level, const char *format, va_list more)
{
    (void)avr;
    (void)level;
    (void)format;
    (void)more;
}

int main(int count, char **names)
{
    elf_firmware_t firmware = {{0}};
    avr_t *avr;
    int state;

    avr_global_logger_set(say_nothing);
    if (count != 2 || elf_read_firmware(names[1], &firmware) != 0)
        return 2;
    avr = avr_make_mcu_by_name("attiny85");
    avr_init(avr);
    avr_load_firmware(avr, &firmware);
    avr_register_io_read(avr, USISR, read_status, NULL);
    avr_register_io_write(avr, USISR, write_status, NULL);
    avr_register_io_write(avr, USIDR, write_data, NULL);
    if (setjmp(ended) == 0)
        do
            state = avr_run(avr);
        while (state != cpu_Done && state != cpu_Crashed);
    else
        state = cpu_Running;
    fflush(stdout);
    return state == cpu_Running ? 0 : 1;
}
