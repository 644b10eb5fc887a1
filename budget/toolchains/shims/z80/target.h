/* A Z80 with all its store: characters pass through one address, as the simulator has it. */
typedef unsigned char byte;
#define FIXED const
#define FIXED_AT const byte *
#define FETCH(place) (*(place))
byte get_char(void);
void put_char(byte sign);
