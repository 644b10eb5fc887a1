/* An 8051 with its own store alone; tables stay in the program's memory. Characters pass through one address of
   outside store, as the simulator has it. A function that calls itself keeps its variables on the stack. */
typedef unsigned char byte;
#define FIXED const __code
#define FIXED_AT const __code byte *
#define OWN_EACH_CALL _Pragma("stackauto")
#define FETCH(place) (*(place))
byte get_char(void);
void put_char(byte sign);
