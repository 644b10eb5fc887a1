; Where a program begins, and how characters pass: the simulator listens at one address. At the end of the input it is
; told to stop. A character goes in and out in A; nothing else is changed but the flags.
	.module start
	.globl _main, _get_char, _put_char
PORT	= 0xffff
	.area _HEADER (ABS)
	.org 0
	ld sp, #0xff00
	jp _main
	.area _CODE
_get_char::
	ld a, #'f
	ld (PORT), a
	ld a, (PORT)
	or a, a
	jr nz, 1$
	ld a, #'s
	ld (PORT), a
1$:	ld a, #'r
	ld (PORT), a
	ld a, (PORT)
	ret
_put_char::
	push af
	ld a, #'w
	ld (PORT), a
	pop af
	ld (PORT), a
	ret
