/* A 6502 as sim65 simulates it: characters pass through the simulator's own input and output. What is written lies in
   page zero, where instructions are shorter; with FAR defined, outside it. */
typedef unsigned char byte;
#define FIXED const
#define FIXED_AT const byte *
#define FETCH(place) (*(place))
#define OWN_EACH_CALL _Pragma("static-locals(off)")
byte get_char(void);
void __fastcall__ put_char(byte sign);
#ifndef FAR
#pragma bss-name(push, "ZEROPAGE")
#endif
