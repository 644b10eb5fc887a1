; Where a program begins, and how characters pass: the simulator listens at one address. At the end of the input it is
; told to stop. A character goes in and out in A; a compiler takes HL for lost behind every call.
	.module start
	.globl _main, _get_char, _put_char
PORT	= 0xffff
	.area _HEADER (ABS)
	.org 0
	ld sp, #0xff00
	jp _main
	.area _CODE
_get_char::
	ld hl, #PORT
	ld (hl), #'f
	ld a, (hl)
	or a, a
	jr nz, 1$
	ld (hl), #'s
1$:	ld (hl), #'r
	ld a, (hl)
	ret
_put_char::
	ld hl, #PORT
	ld (hl), #'w
	ld (hl), a
	ret
