#1=5 #<_depth>=[-1.5*2]
o<hole> sub
G0 X#1 Y#2
o10 if [#3 GT 1 AND #1 NE 0]
o<hole> return [abs[#3]]
o10 elseif [EXISTS[#<_x>]]
G0 Z1
o10 else
G1 Z#<_depth> F[60/2**2]
o10 endif
o<hole> endsub
o<hole> call [1] [2] [0]
o1 while [#1 LT 8]
#1=[#1+1]
o1 continue
o1 endwhile
o2 do
#1=[#1-FIX[1.5]]
o2 while [#1 GE 6]
o3 repeat [2]
o3 break
o3 endrepeat
G0 X[ATAN[1]/[2]+SQRT[#1 MOD 3]]
M2
