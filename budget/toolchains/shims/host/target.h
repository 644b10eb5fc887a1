/* What a program needs of a computer of today: its own input and output, a character at a time. */
typedef unsigned char byte;
#define FIXED const
#define FIXED_AT const byte *
#define FETCH(place) (*(place))
byte get_char(void);
void put_char(byte sign);
