/* A 6502 as sim65 simulates it: characters pass through the simulator's own input and output. */
typedef unsigned char byte;
#define FIXED const
#define FIXED_AT const byte *
#define FETCH(place) (*(place))
byte get_char(void);
void __fastcall__ put_char(byte sign);
