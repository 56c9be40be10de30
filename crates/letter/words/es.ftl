language-name = Español
decimal-mark = ,
list = { $head } { $and } { $last }
list-comma = {", "}
list-and = y
