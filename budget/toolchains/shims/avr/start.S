; The part begins at address 0. No interrupt is used, so the program begins where its vectors would stand; the stack
; pointer is set by the part itself; what the program relies on, it writes first, so nothing is cleared.
    .section .vectors, "ax"
    clr r1
    rjmp main
    .global __do_clear_bss
    .set __do_clear_bss, 0
