; Where a program begins, and how characters pass. The simulator's own calls take their parameters from the stack of C:
; a buffer's address and a number, 0 for input and 1 for output. So that stack is made to lie over these two words for
; as long as a call takes. At the end of the input the simulator is told to end.
        .export __STARTUP__ : absolute = 1
        .export _get_char, _put_char
        .import _main
        .importzp sp

READ = $FFF6
WRITE = $FFF7
EXIT = $FFF9

        .segment "EXEHDR"
        .byte "sim65", 2, 0
        .byte sp
        .addr start, start

        .zeropage
sign:   .res 1
words:  .res 4          ; the buffer's address, and the number
kept:   .res 2

        .segment "STARTUP"
start:  ldx #$FF
        txs
        lda #$FF
        sta sp
        lda #$7F
        sta sp+1
        lda #sign
        sta words
        lda #0
        sta words+1
        sta words+3
        jmp _main

_get_char:
        ldy #0
        jsr begin
        jsr READ
        lsr a           ; how many have come: 1 or 0
        bcs end
        lda #0
        jsr EXIT        ; the simulator sees calls only

_put_char:
        sta sign
        ldy #1
        jsr begin
        jsr WRITE
end:    lda kept
        sta sp
        lda kept+1
        sta sp+1
        ldx #0
        lda sign
        rts

begin:  sty words+2
        lda sp
        sta kept
        lda sp+1
        sta kept+1
        lda #words
        sta sp
        lda #0
        sta sp+1
        tax
        lda #1
        rts
