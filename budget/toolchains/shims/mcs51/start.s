; Where a program begins, in place of what the compiler's library would put there: what a program relies on, it writes
; first, so nothing is cleared or copied.
	.module start
	.globl __start__stack
	.area HOME (CODE)
	.area GSINIT0 (CODE)
__sdcc_gsinit_startup::
__mcs51_genXINIT::
__mcs51_genXRAMCLEAR::
__mcs51_genRAMCLEAR::
	mov sp, #__start__stack - 1
