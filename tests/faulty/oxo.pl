# Noughts and crosses, machine first; a fault can be named on the command line.
#
# Without an argument it is right under the house rules 'lost-turn': a cell that
# is taken or not there costs the turn.  What each fault is stands in
# tests/workbench/drill/bank.py.

use strict;
use warnings;

my $fault = @ARGV ? shift @ARGV : "";
my @lines = ([0, 1, 2], [3, 4, 5], [6, 7, 8], [0, 3, 6], [1, 4, 7], [2, 5, 8], [0, 4, 8], [2, 4, 6]);
my @board;
my $lost_turns;
$| = 1;

sub completes {
    my ($player) = @_;
    for my $line (@lines) {
        my @free = grep { $board[$_] eq " " } @$line;
        my @held = grep { $board[$_] eq $player } @$line;
        return $free[0] if @held == 2 && @free == 1;
    }
    return -1;
}

sub has_won {
    my ($player) = @_;
    for my $line (@lines) {
        next if $fault eq "middle-row-not-seen" && $line->[0] == 3;
        return 1 if 3 == grep { $board[$_] eq $player } @$line;
    }
    return 0;
}

sub my_move {
    for my $player ("X", "O") {
        next if $fault eq "careless-after-a-lost-turn" && $lost_turns;
        my $cell = completes($player);
        return $cell if $cell >= 0;
    }
    my @free = grep { $board[$_] eq " " } (4, 0, 2, 6, 8, 1, 3, 5, 7);
    return $free[0];
}

sub visitor {
    while (1) {
        print "YOUR MOVE ";
        my $text = <STDIN>;
        exit 0 unless defined $text;
        $text =~ s/\r?\n$//;
        if (length($text) > 8 || $text !~ /^[0-9]+$/) {
            die "NOT A NUMBER\n" if $fault eq "dies-on-a-question" && $text eq "?";
            print "AGAIN\n";
            return if $fault eq "charges-for-nothing" && $text eq "";
            next;
        }
        my $is_there = $text =~ /^[1-9]$/;
        if ($is_there && $board[$text - 1] eq " ") {
            $board[$text - 1] = "O";
            return;
        }
        if ($fault eq "takes-what-is-taken" && $is_there && $board[$text - 1] eq "X") {
            $board[$text - 1] = "O";
            return;
        }
        print $fault eq "another-message" && !$is_there ? "NO SUCH CELL\n" : "YOU LOSE YOUR TURN\n";
        $lost_turns++;
        next if $fault eq "says-it-and-does-not" && $is_there;
        return;
    }
}

sub draw {
    return $fault eq "no-draws" ? "" : "A DRAW";
}

sub game {
    @board = (" ") x 9;
    $lost_turns = 0;
    while (1) {
        my $cell = my_move();
        $board[$cell] = "X";
        print "I PLAY ", $cell + 1, "\n";
        return "I WIN" if has_won("X");
        return draw() unless grep { $_ eq " " } @board;
        visitor();
        return "YOU WIN" if has_won("O");
        return draw() unless grep { $_ eq " " } @board;    # after lost turns
    }
}

while (1) {
    print game(), "\n";
    my $text = <STDIN>;
    exit 0 unless defined $text;
    print "AGAIN\n";
    exit 3 if $fault eq "dies-after-the-end";
}
