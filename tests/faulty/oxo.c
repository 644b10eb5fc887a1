/* Noughts and crosses, machine first; a fault can be named on the command line.

   Without an argument it is right under the house rules one-warning.toml: one
   wrong input in a game is forgiven, the next loses it.  What each fault is
   stands in tests/workbench/drill/bank.py. */

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *fault = "";
static const int lines[8][3] = {{0, 1, 2}, {3, 4, 5}, {6, 7, 8}, {0, 3, 6},
                                {1, 4, 7}, {2, 5, 8}, {0, 4, 8}, {2, 4, 6}};
/* One behind the other, so that a fault in reading finds the board. */
static struct { char text[9], board[9]; } store;
static char *const board = store.board, *const text = store.text;
static int warnings, games;

static int is(const char *name) { return strcmp(fault, name) == 0; }

static int marks(char player)
{
    int cell, count = 0;
    for (cell = 0; cell < 9; cell++)
        count += board[cell] == player;
    return count;
}

static int has_won(char player)
{
    int line;
    for (line = 0; line < (is("last-column-not-seen") ? 5 : 8); line++)
        if (board[lines[line][0]] == player && board[lines[line][1]] == player &&
            board[lines[line][2]] == player)
            return 1;
    return 0;
}

/* The free cell of a line on which a player has two marks, or -1. */
static int completes(char player)
{
    int line, place;
    for (line = 0; line < 8; line++) {
        int mine = 0, free_cell = -1;
        for (place = 0; place < 3; place++) {
            int cell = lines[line][place];
            mine += board[cell] == player;
            if (board[cell] == ' ')
                free_cell = cell;
        }
        if (mine == 2 && free_cell >= 0)
            return free_cell;
    }
    return -1;
}

static int my_move(void)
{
    static const int order[9] = {4, 0, 2, 6, 8, 1, 3, 5, 7};
    int place, cell = completes('X');
    if (cell >= 0 && !is("misses-its-win"))
        return cell;
    cell = completes('O');
    if (cell >= 0 && !(is("lets-one-line-go") && board[2] == 'O' && board[8] == 'O'))
        return cell;
    for (place = 0; place < 9; place++)
        if (board[order[place]] == ' ')
            return order[place];
    return -1;
}

/* A line without its end; what does not fit is read and forgotten. */
static int read_line(void)
{
    const int room = 8, far = is("writes-past-the-end") ? 18 : 8;
    int sign, length = 0;
    while ((sign = getchar()) != '\n') {
        if (sign == EOF)
            exit(0);
        if (length < far)
            text[length] = (char)sign;
        length++;
    }
    text[length < room ? length : room] = 0;
    return length;
}

static void stumble(void)
{
    int *nowhere = 0;
    if (is("falls-over-a-letter") && isalpha((unsigned char)text[0]))
        *nowhere = 1;
    if (is("waits-for-a-key-that-nobody-knows") && text[0] == '?')
        while (getchar() != '*')
            ;
    if (is("aborts-on-nothing") && text[0] == 0)
        abort();
    if (is("talks-without-end") && text[0] == '0')
        for (;;)
            puts("OUT OF RANGE");
}

/* Whether the visitor's input has lost the game. */
static int visitor_loses(void)
{
    for (;;) {
        int length, cell;
        printf("YOUR MOVE ");
        fflush(stdout);
        length = read_line();
        stumble();
        cell = text[0] - '1';
        if (length == 1 && isdigit((unsigned char)text[0]) && cell >= 0 && board[cell] == ' ') {
            board[cell] = 'O';
            return 0;
        }
        if (is("a-taken-cell-moves-the-mark") && length == 1 && cell >= 0 && cell < 9 && board[cell] == 'O')
            board[cell] = ' ';
        if (is("questions-cost-nothing") && text[0] == '?') {
            puts("CAREFUL. AGAIN");
            continue;
        }
        if (is("a-warning-wipes-a-corner"))
            board[8] = board[8] == 'O' ? ' ' : board[8];
        if (warnings++ == (is("forgives-nothing") ? 0 : is("forgives-twice") ? 2 : 1)) {
            puts(is("loses-in-silence") ? "CAREFUL. AGAIN" : "YOU LOSE");
            return 1;
        }
        puts("CAREFUL. AGAIN");
    }
}

static const char *game(void)
{
    if (!is("leaves-the-last-board"))
        memset(board, ' ', sizeof store.board);
    if (!is("warns-across-games"))
        warnings = 0;
    games++;
    for (;;) {
        int cell = my_move();
        if (is("eleventh-game-is-another") && games > 10 && marks('X') == 0)
            cell = 0;
        board[cell] = 'X';
        printf("I PLAY %d\n", cell + 1);
        if (has_won('X'))
            return is("wins-are-yours") && marks('X') == 4 ? "YOU WIN" : "I WIN";
        if (marks(' ') == 0)
            return "A DRAW";
        if (is("gives-up-at-seven") && marks(' ') == 4 && board[6] == 'O')
            return "A DRAW";
        if (visitor_loses())
            return is("lost-game-called-a-draw") ? "A DRAW" : "I WIN";
        if (has_won('O'))
            return "YOU WIN";
    }
}

int main(int count, char **words)
{
    if (count > 1)
        fault = words[1];
    memset(board, ' ', sizeof store.board);
    for (;;) {
        puts(game());
        fflush(stdout);
        read_line();
        if (is("one-more-move-after-the-end") && isdigit((unsigned char)text[0])) {
            puts("I PLAY 1");
            continue;
        }
        puts("GAME OVER");
    }
}
